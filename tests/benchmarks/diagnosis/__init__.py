"""How well laylog finds the cause, beside general-purpose rivals on the same logs.

Run `python -m tests.benchmarks.diagnosis --help`.
"""
