"""The window: views in docks over one session, and the table of actions."""
