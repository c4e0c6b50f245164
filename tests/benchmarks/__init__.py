"""Measurements that are commands to run, not tests: they print tables and pass no judgement."""
