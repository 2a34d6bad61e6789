"""Tubes, pulleys, screws, ropes, winches and leads: data with ratings and sources."""
