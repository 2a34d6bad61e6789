"""The same pipe in two finite-element programs, each with its own elements."""

from itertools import pairwise

import numpy as np
from anastruct import SystemElements
from Pynite import FEModel3D

from core.mechanics.pipe_parts import Joint, Lump, Pipe, Rope

SHEAR_MODULUS, AREA = 11.2e6, 0.134
COUPLING = 0.01  # [in]


def pynite_reactions_and_sag(
    pipe: Pipe, ropes: list[Rope], lumps: list[Lump], stations: list[float]
) -> tuple[list[float], list[float]]:
    """Return reactions [lbf] and sag [in] with every rope holding both ways."""
    model = FEModel3D()
    model.add_material("steel", 29.0e6, SHEAR_MODULUS, 0.3, 0.0)
    inertia = pipe.stiffness / 29.0e6
    model.add_section("tube", AREA, inertia, inertia, 2 * inertia)
    places = sorted({pipe.start, pipe.end, *(rope.station for rope in ropes)})
    for place in places:
        model.add_node(f"N{place}", place, 0.0, 0.0)
    first, last = f"N{places[0]}", f"N{places[-1]}"
    model.add_member("pipe", first, last, "steel", "tube")
    model.def_support(first, True, False, True, True, False, False)
    model.def_support(last, False, False, True, True, False, False)
    for rope in ropes:
        _hold(model, rope, places)
    model.add_member_dist_load("pipe", "Fy", -pipe.weight, -pipe.weight)
    for lump in lumps:
        model.add_member_pt_load("pipe", "Fy", -lump.weight, lump.station - pipe.start)
    model.analyze(check_stability=False)
    sags = [
        -float(model.members["pipe"].deflection("dy", x - pipe.start, "Combo 1"))
        for x in stations
    ]
    return [_reaction(model, rope) for rope in ropes], sags


def _hold(model: FEModel3D, rope: Rope, places: list[float]) -> None:
    node = f"N{rope.station}"
    if np.isinf(rope.spring):
        ends = {places[0]: (True, True), places[-1]: (False, True)}
        along, twist = ends.get(rope.station, (False, False))
        model.def_support(node, along, True, True, twist, False, False)
        if rope.drop:
            model.def_node_disp(node, "DY", -rope.drop)
    else:
        # a spring at a lowered place: the unloaded place is moved by a force
        model.def_support_spring(node, "DY", rope.spring)
        model.add_node_load(node, "FY", -rope.spring * rope.drop)


def _reaction(model: FEModel3D, rope: Rope) -> float:
    node = model.nodes[f"N{rope.station}"]
    if np.isinf(rope.spring):
        return float(node.RxnFY["Combo 1"])
    return -rope.spring * (float(node.DY["Combo 1"]) + rope.drop)


def anastruct_reactions_and_sag(
    pipe: Pipe, ropes: list[Rope], joints: list[Joint], lumps: list[Lump]
) -> tuple[list[float], list[float], list[float]]:
    """Return reactions [lbf], and stations [in] with their sag [in].

    A coupling is a piece of `COUPLING` length whose EI / length is its stiffness:
    anastruct's own element springs take the reciprocal of single matrix cells, not
    of the matrix, and are wrong.
    """
    soft = {joint.station + COUPLING: joint.stiffness for joint in joints}
    places = sorted(
        {pipe.start, pipe.end, *soft}
        | {rope.station for rope in ropes}
        | {lump.station for lump in lumps}
        | {joint.station for joint in joints}
    )
    frame = SystemElements(EI=pipe.stiffness, EA=1e9)
    for left, right in pairwise(places):
        stiffness = soft[right] * COUPLING if right in soft else pipe.stiffness
        frame.add_element([[left, 0], [right, 0]], EI=stiffness)
        frame.q_load(-pipe.weight, frame.id_last_element)
    nodes = {place: k + 1 for k, place in enumerate(places)}
    frame.add_support_hinged(nodes[ropes[0].station])
    for rope in ropes[1:]:
        frame.add_support_roll(nodes[rope.station])
    for lump in lumps:
        frame.point_load(nodes[lump.station], Fy=-lump.weight)
    frame.solve()
    reactions = [
        -float(frame.get_node_results_system(nodes[rope.station])["Fy"])
        for rope in ropes
    ]
    sags = [float(frame.get_node_results_system(nodes[x])["uy"]) for x in places]
    return reactions, places, sags
