"""Answers to the care of a document, in the place of a person at dialogs."""

from dataclasses import dataclass, field
from typing import Any


@dataclass
class Answers:
    """Notes every question; a test calls what was offered when it likes."""

    asked: list[str] = field(default_factory=list)
    offered: dict[str, Any] = field(default_factory=dict)

    def held(self, path, holder, *, open_copy):
        self._note("held", path=path, holder=holder, open_copy=open_copy)

    def recover(self, found, *, take, discard):
        self._note("recover", found=found, take=take, discard=discard)

    def changed(self, path, *, has_edits, reload):
        self._note("changed", path=path, has_edits=has_edits, reload=reload)

    def gone(self, path):
        self._note("gone", path=path)

    def faults(self, error):
        self._note("faults", error=error)

    def _note(self, name, **offered):
        self.asked.append(name)
        self.offered = offered
