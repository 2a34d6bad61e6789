"""The whole room in space: orbit it, walk through it, click what is in it."""
