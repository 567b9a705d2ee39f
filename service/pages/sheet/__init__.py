"""The sheet: a whole condition as one form, judged while it is typed."""
