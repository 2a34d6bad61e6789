"""What a drag means: gestures as plain machines, without a window."""
