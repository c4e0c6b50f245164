"""How often the wanted gel time is met by following the advice, in shops whose law is known."""
