"""The one call: barn to report, keeping what an edit leaves unchanged."""
