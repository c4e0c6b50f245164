"""Arguments settled from the shop's own log: two ways compared, a fair trial planned and read."""
