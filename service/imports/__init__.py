"""Workbooks and tables of text into wire documents, and back. Knows the published language and nothing else of ours."""
