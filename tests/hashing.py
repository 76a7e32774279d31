"""Argon2 as in the field, at a cost that a suite of many sign-ins can bear."""

from django.contrib.auth.hashers import Argon2PasswordHasher


class QuickArgon2(Argon2PasswordHasher):
    """The same algorithm with the least work it allows; a test's password guards nothing."""

    time_cost = 1
    memory_cost = 8  # KiB
    parallelism = 1
