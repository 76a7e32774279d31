"""Set-up of Lineward on one machine: packages, environment, private services, processes.

Standard library only: most of it runs before `.venv` exists.
"""
