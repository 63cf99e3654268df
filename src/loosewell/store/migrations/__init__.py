"""Migrations of the workshop file, from the first version on."""
