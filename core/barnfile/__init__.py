"""The barn file: one JSON document, read with every fault named, saved whole."""

from core.barnfile.files import (
    LARGEST_FILE,
    BarnFile,
    load_barn,
    open_barn,
    read_barn,
    read_text,
    save_barn,
)
from core.barnfile.scans import MeshLibrary
from core.barnfile.writing import SCHEMA_NAME, barn_text, digest

__all__ = [
    "LARGEST_FILE",
    "SCHEMA_NAME",
    "BarnFile",
    "MeshLibrary",
    "barn_text",
    "digest",
    "load_barn",
    "open_barn",
    "read_barn",
    "read_text",
    "save_barn",
]
