"""The sums: pure functions of numbers, no Django. They return numbers and codes.

Instants are int64 microseconds since the epoch (UTC) in arrays and aware datetimes one
at a time; places are degrees north and east (WGS84); everything else is SI, with the
unit in the name. Sources stand in the docstrings, their checks in tests/published/.
"""
