"""Sheets: one printed page each, and the same as plain text.

``content`` holds what a sheet says, one module a kind fills it from the records, ``press`` sets it
on paper and ``twin`` prints it as text.
"""
