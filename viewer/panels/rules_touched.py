"""Which rules look at a field, and in which words a form says so."""

from collections.abc import Mapping

import core.rules.book  # declares every rule
from core.model.barn import Barn
from core.quantities import LengthStyle
from core.rules.registry import Limits, Rule, limits_in_force
from core.rules.wording import measure

__all__ = ["TOUCHED", "rule_hint", "rule_tooltip", "rules_touching"]

# Class and field -> ids of rules; an id that is not in the book is passed over.
TOUCHED: Mapping[str, Mapping[str, tuple[str, ...]]] = {
    "Run": {
        "start": ("layout.end-gap", "layout.lane"),
        "end": ("layout.end-gap", "layout.lane"),
        "strip": ("layout.lane", "layout.coverage"),
        "working_height": ("layout.working-height", "clearance.envelope"),
        "stow_drop": ("travel.stow-gap", "travel.headroom"),
        "tube": ("pipe.sag",),
        "joint": ("pipe.sag",),
        "first_joint": ("pipe.sag",),
        "supports": ("support.spacing", "support.ends"),
    },
    "PointRow": {"reach": ("clearance.envelope",)},
    "Support": {
        "station": ("support.spacing", "support.ends", "support.truss"),
        "along": ("support.in-line",),
        "across": ("support.in-line",),
        "pulley_drop": ("travel.insulator",),
        "clamp_gap": ("travel.clamp-room",),
        "rope_slack": ("pipe.sag",),
        "blocking": ("support.truss",),
        "anchor": ("support.anchor",),
        "pulley": ("support.pulley",),
        "insulator": ("travel.insulator",),
        "clamp": ("hoist.clamp", "travel.clamp-room"),
    },
    "Hoist": {
        "parts": ("hoist.pull",),
        "pull_point": ("hoist.place", "clearance.cable"),
        "pull_towards": ("hoist.place", "clearance.cable"),
        "spare_rope": ("hoist.drum",),
    },
    "Winch": {
        "at": ("hoist.place",),
        "part": ("hoist.pull", "hoist.drum"),
        "on_lumber": ("hoist.place",),
        "rope": ("hoist.cable",),
        "dead_wraps": ("hoist.drum",),
    },
    "Fixing": {
        "anchor": ("support.anchor",),
        "screws": ("support.anchor",),
        "lumber": ("support.anchor",),
    },
    "PullCable": {"cable": ("hoist.cable",), "leaves": ("hoist.lower",)},
    "TurningPulley": {
        "at": ("clearance.cable", "support.pulley"),
        "part": ("support.pulley",),
        "anchor": ("support.anchor",),
        "blocking": ("support.anchor",),
    },
    "Electrical": {
        "voltage": ("clearance.voltage", "electrical.working-space"),
        "altitude": ("clearance.voltage",),
        "temperature": ("clearance.voltage",),
        "bonds": ("grounding.bonds",),
        "building_electrode": ("grounding.rod",),
        "soil_resistivity": ("grounding.rod",),
    },
    "Supply": {
        "at": ("electrical.supply", "electrical.working-space"),
        "outlet": ("electrical.supply",),
        "spare_lead": ("electrical.supply",),
    },
    "Outlet": {
        "ground_fault_protected": ("electrical.supply",),
        "out_of_reach": ("electrical.supply",),
        "beside_ground": ("electrical.supply",),
    },
    "IsolatingSwitch": {
        "at": ("electrical.switch",),
        "outside_room": ("electrical.switch",),
    },
    "Lead": {
        "route": ("clearance.lead",),
        "free_length": ("electrical.lead",),
        "terminal": ("electrical.lead",),
        "sleeve": ("electrical.lead",),
    },
    "Jumper": {"length": ("electrical.lead",)},
    "GroundRod": {"length": ("grounding.rod",)},
    "Job": {"sag_limit": ("pipe.sag",), "side_air": ("clearance.envelope",)},
    "Room": {
        "length": ("layout.end-gap",),
        "ceiling": ("travel.stow-gap", "travel.headroom"),
        "ventilation": ("support.fan",),
        "trusses": ("support.truss",),
    },
    "Trusses": {
        "spacing": ("support.spacing", "support.truss"),
        "first": ("support.truss",),
        "stations": ("support.truss",),
        "wood": ("support.anchor",),
        "chord_width": ("support.truss",),
    },
    "Strip": {"y": ("layout.lane",), "width": ("layout.lane",)},
    "Pen": {
        "outline": ("layout.coverage",),
        "partition_height": ("layout.working-height",),
    },
    "Controller": {"offset": ("electrical.switch",)},
}

_SAYS = {"least": "at least", "most": "at most"}


def rules_touching(cls: type, field: str) -> tuple[Rule, ...]:
    """Return the rules of the book that look at a field."""
    known = {rule.id: rule for rule in core.rules.book.rules()}
    ids = TOUCHED.get(cls.__name__, {}).get(field, ())
    return tuple(known[each] for each in ids if each in known)


def rule_hint(rule: Rule, barn: Barn, *, style: LengthStyle) -> str:
    """Return a rule with its values in force, in one line.

    Parameters
    ----------
    rule : Rule
        The rule.
    barn : Barn
        The document; its job may have values of its own.
    style : LengthStyle
        How lengths are written.

    Returns
    -------
    str
        Such as ``support.spacing: at most 12 ft 0 in``.
    """
    limits: Limits = limits_in_force(barn.job.overrides)[0][rule.id]
    values = ", ".join(
        f"{_SAYS.get(name, name)} {measure(value, rule.unit, style=style)}"
        for name, value in limits.items()
    )
    changed = " (this job's own)" if limits != rule.limits else ""
    return f"{rule.id}: {values}{changed}" if values else rule.id


def rule_tooltip(rule: Rule) -> str:
    """Return why a rule is there and where it comes from."""
    return f"{rule.id}\n{rule.protects}\nSource: {rule.source}"
