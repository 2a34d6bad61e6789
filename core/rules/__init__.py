"""What is allowed: named limits with their sources, and their findings."""
