"""The demo's season as a list of acts, made from a seed and a moment without any database."""
