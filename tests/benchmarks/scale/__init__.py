"""How laylog holds up as a log grows: `python -m tests.benchmarks.scale`."""
