"""The window, the paper and the commands of Liftlane."""
