"""Care of the document: autosave, recovery, locks, changes on disk, recent files."""
