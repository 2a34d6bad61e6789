"""Names of the document in words: fields, classes, choices and objects."""

from core.model.barn import Barn
from core.model.rewriting import by_id

__all__ = [
    "choice_words",
    "class_words",
    "field_words",
    "object_title",
    "summary",
]

_FIELDS = {
    "at": "place",
    "x": "x, along the room",
    "y": "y, across the room",
    "z": "z, above the floor",
    "id": "id",
    "out_of_reach": "out of reach of animals",
    "ground_fault_protected": "ground-fault protected",
    "beside_ground": "beside a ground",
    "spare_lead": "spare lead at the supply",
    "part": "part",
    "along": "moved along the run",
    "across": "moved across the run",
    "first": "first one at",
    "drop": "drop below the ceiling",
    "opening": "opens by",
    "parts": "parts of line",
    "blocking": "on added blocking",
    "on_lumber": "on added lumber",
    "lumber": "thickness of the lumber",
    "metal": "is of metal",
    "outside_room": "outside the room",
    "to": "bonded to",
    "display": "lengths are shown in",
    "bleed_resistance": "bleed resistance, ohm",
    "soil_resistivity": "soil resistivity, ohm m",
    "resistance": "resistance, ohm",
    "origin": "its numbers are",
    "rating": "may bear, lbf",
    "breaking_strength": "breaks at, lbf",
    "slip_load": "slips at, lbf",
    "first_layer_pull": "pull on the bare drum, lbf",
    "axial_stiffness": "axial stiffness EA, lbf",
    "modulus": "modulus of elasticity, psi",
    "bending_yield": "bending yield strength, psi",
    "rotational_stiffness": "moment for 1 rad of kink, lbf in",
    "friction_ratio": "tension behind / before at 180\N{DEGREE SIGN}",
    "friction": "friction at the pin",
    "termination_efficiency": "strength kept at its ends, share",
    "efficiency": "efficiency of its gears, share",
    "capacitance_per_foot": "capacitance, pF/ft",
    "specific_gravity": "specific gravity, oven-dry",
    "layers": "layers of rope",
    "gear_ratio": "turns of the crank for one of the drum",
}
_CLASSES = {
    "PlainBox": "box",
    "PlainCylinder": "cylinder",
    "PlainCapsule": "capsule",
    "PlainSphere": "ball",
    "PlainHull": "convex body",
    "HvLead": "high-voltage lead",
    "PointRow": "discharge points",
    "EyePoint": "eye point",
    "Lead": "high-voltage lead",
}
_CHOICES = {
    "ft": "feet",
    "in": "inches",
    "mm": "millimetres",
    "cm": "centimetres",
    "m": "metres",
}


def field_words(name: str) -> str:
    """Return the label of a field, beginning with a capital.

    Examples
    --------
    >>> field_words("rope_slack")
    'Rope slack'
    >>> field_words("x")
    'x, along the room'
    """
    words = _FIELDS.get(name, name.replace("_", " "))
    return words if words[1:2] == "," else words[:1].upper() + words[1:]


def class_words(cls: type) -> str:
    """Return a class of the model in words, beginning with a capital.

    Examples
    --------
    >>> from core.model.fixtures import CeilingInlet
    >>> class_words(CeilingInlet)
    'Ceiling inlet'
    """
    name = cls.__name__
    spaced = "".join(f" {c.lower()}" if c.isupper() else c for c in name).strip()
    words = _CLASSES.get(name, spaced)
    return words[:1].upper() + words[1:]


def choice_words(choice: str | int) -> str:
    """Return one choice of a field in words.

    Examples
    --------
    >>> choice_words("in-left")
    'In left'
    >>> choice_words(2)
    '2'
    """
    words = _CHOICES.get(str(choice), str(choice).replace("-", " "))
    return words[:1].upper() + words[1:]


def object_title(item: object, identity: str) -> str:
    """Return what an object is called in a title: its class, id and name."""
    name = getattr(item, "name", "")
    title = f"{class_words(type(item))} {identity}"
    return f"{title}: {name}" if name and name != identity else title


def summary(barn: Barn, ids: tuple[str, ...]) -> str:
    """Return what is chosen in a few words, for the name of an edit."""
    if len(ids) == 1:
        return ids[0]
    items = by_id(barn)
    kinds = {class_words(type(items[each])) for each in ids if each in items}
    noun = f"{kinds.pop().lower()}s" if len(kinds) == 1 else "objects"
    return f"{len(ids)} {noun}"
