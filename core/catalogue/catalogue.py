"""Looking parts up: the standard ones and those of a job."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from typing import TypeVar

from core.catalogue.parts import Part
from core.errors import UnknownPartError

__all__ = ["Catalogue"]

P = TypeVar("P", bound=Part)


@dataclass(frozen=True, slots=True, kw_only=True)
class Catalogue:
    """The parts that a job may name, by id."""

    by_id: Mapping[str, Part]

    @classmethod
    def of(cls, parts: Iterable[Part]) -> "Catalogue":
        """Collect parts; of two with one id the later counts.

        Parameters
        ----------
        parts : iterable of Part
            The parts.

        Returns
        -------
        Catalogue
            A catalogue of them.
        """
        return cls(by_id={part.id: part for part in parts})

    def with_parts(self, parts: Iterable[Part]) -> "Catalogue":
        """Add a job's own parts, in place of those with the same id.

        Parameters
        ----------
        parts : iterable of Part
            The job's parts.

        Returns
        -------
        Catalogue
            The larger catalogue; this one stays as it is.
        """
        return Catalogue.of([*self.by_id.values(), *parts])

    def all_of(self, what: type[P]) -> tuple[P, ...]:
        """List the parts of one class, in the order in which they were given.

        Parameters
        ----------
        what : type
            Class of part, such as `Tube`.

        Returns
        -------
        tuple of Part
            The parts of that class.
        """
        return tuple(part for part in self.by_id.values() if isinstance(part, what))

    def find(self, what: type[P], part_id: str) -> P:
        """Look one part up.

        Parameters
        ----------
        what : type
            Class of part that is wanted, such as `Tube`.
        part_id : str
            Its id.

        Returns
        -------
        Part
            The part.

        Raises
        ------
        UnknownPartError
            If no part has this id, or the part is of another class; the message
            names the nearest id of the right class.
        """
        part = self.by_id.get(part_id)
        if isinstance(part, what):
            return part
        raise UnknownPartError(self._missing(what, part_id, part))

    def _missing(self, what: type[P], part_id: str, other: Part | None) -> str:
        """Say what is wrong with an id and which one may be meant."""
        known = {part.id: part.kind for part in self.all_of(what)}
        near = get_close_matches(part_id, known, n=1, cutoff=0.0)
        wanted = " or ".join(sorted(set(known.values()))) or what.__name__
        wrong = f"is a {other.kind}" if other else "is not in the catalogue"
        hint = f'; did you mean "{near[0]}"?' if near else ""
        return f'part "{part_id}" {wrong}, expected a {wanted}{hint}'
