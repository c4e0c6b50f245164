"""Promises kept under force: killed, crowded, filled up and fed rubbish."""
