"""What Liftlane knows and computes; nothing here sees a window."""
