"""The working of an answer, written after the fact from the finished assessment: nothing is traced."""
