"""One file a step; a step once released is never edited."""
