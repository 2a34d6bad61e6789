"""What to draw: barn, report and lift become plain records; painters paint them."""
