"""Sheets: one printed page each, and the same as plain text.

``content`` holds what a sheet says, one module a kind fills it from the records, ``press`` sets it
on paper and ``twin`` prints it as text.
"""

KINDS = (
    "bow-card",
    "set-tag",
    "build-card",
    "tuning-log",
    "string-recipe",
    "inspection-list",
    "shopping-list",
)
