"""Where everything of a barn is: solids, ropes, cables and leads with their owners."""
