"""Statistics for small numbers of jobs: plain numbers and arrays in, plain numbers out.

Nothing here knows parts, dates or files. Scipy is imported inside the functions that need it,
so that a command typed at the bench starts at once.
"""
