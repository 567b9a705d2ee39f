"""Trials of what is kept, each in small in the test suite and at length by command.

python -m tests.endurance --rounds 300           servers killed at random moments, SQLite
python -m tests.endurance --rounds 300 --url postgresql://USER@HOST/EMPTY_DATABASE
"""
