"""The commands; each imports what it needs only when it runs."""
