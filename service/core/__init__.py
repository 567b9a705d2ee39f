"""The stateless calculation core: numpy and the standard library, nothing else.

Read `assessment.py` first: it is the chain in order. `conventions.py` says which way is positive.
"""
