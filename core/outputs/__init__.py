"""What leaves the desk: words, tables and files made from a report."""
