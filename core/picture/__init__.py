"""The picture for the customer: a barn seen by an eye, ray-cast without a screen."""
