"""How quick the pages are: `python -m tests.benchmarks.dashboard`."""
