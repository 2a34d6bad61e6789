"""Air gaps, stored energy, the high-voltage lead and grounding."""
