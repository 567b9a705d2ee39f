"""Trials of what is kept, each in small in the test suite and at length by command.

python -m tests.endurance kill      servers killed at random moments under concurrent writers
python -m tests.endurance race      two writers with one If-Match
python -m tests.endurance disk      a disk that is full again and again (takes the right to mount a tmpfs)
python -m tests.endurance tamper    random changes behind the back of the service
python -m tests.endurance requests  requests made by chance, of every operation and page: none is a server error
python -m tests.endurance all

On SQLite, with --postgresql on a throw-away server. --rounds says how often.
"""
