"""All rules together: importing this module declares every one of them."""

from core.rules import (
    clearance,
    electrical,
    grounding,
    hoist,
    layout,
    live_air,
    loads,
    pipe,
    rubbing,
    support,
    travel,
)
from core.rules.registry import limits_in_force, rules, rules_in

__all__ = ["RULE_MODULES", "limits_in_force", "rules", "rules_in"]

RULE_MODULES = (
    clearance,
    electrical,
    grounding,
    hoist,
    layout,
    live_air,
    loads,
    pipe,
    rubbing,
    support,
    travel,
)
