"""How the month in review measures up: false alarms, power, planted changes, speed."""
