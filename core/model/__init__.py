"""The immutable document; import its classes from the modules below."""
