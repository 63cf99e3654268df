"""The page: HTML first, on this machine only, with nothing fetched from outside."""
