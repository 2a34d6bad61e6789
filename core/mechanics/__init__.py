"""Pipe, ropes, cable tree, winch, anchors and sway."""
