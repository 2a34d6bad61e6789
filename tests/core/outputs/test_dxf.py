"""The DXF read back: audited, places equal to the model's, dimension texts right."""

import io
from collections.abc import Callable

import ezdxf
import pytest
from ezdxf.document import Drawing as Document

from core.analysis.analyse import Analysis
from core.drawing.long_section import long_section
from core.drawing.plan import plan
from core.drawing.records import Drawing
from core.drawing.section import section
from core.drawing.shown import Shown
from core.outputs.dxf import HOLE_BLOCK, drawing_dxf
from core.outputs.holes import drill_holes
from core.outputs.sheet_dimensions import plan_dimensions
from core.quantities import LengthStyle, format_length

Draw = Callable[..., Drawing]


def read(content: bytes) -> Document:
    return ezdxf.read(io.StringIO(content.decode("utf-8")))


def plan_file(analysis: Analysis) -> Document:
    shown = Shown(catalogue=analysis.catalogue)
    drawing = plan(analysis.report.barn, analysis.report, shown)
    return read(
        drawing_dxf(
            drawing,
            style=LengthStyle.FEET,
            extra=plan_dimensions(analysis),
            holes=drill_holes(analysis),
        )
    )


@pytest.mark.parametrize("draw", [plan, section, long_section])
def test_every_view_is_audited_without_an_error(full: Analysis, draw: Draw) -> None:
    shown = Shown(catalogue=full.catalogue)
    drawing = draw(full.report.barn, full.report, shown)
    auditor = read(drawing_dxf(drawing, style=LengthStyle.FEET)).audit()
    assert auditor.errors == []
    assert auditor.fixes == []


def test_the_file_says_inches_and_r2010(plain: Analysis) -> None:
    document = plan_file(plain)
    assert document.dxfversion == "AC1024"  # published: R2010 in the DXF reference
    assert document.units == ezdxf.units.IN
    assert document.header["$MEASUREMENT"] == 0


def test_holes_are_where_the_model_has_them(full: Analysis) -> None:
    document = plan_file(full)
    found = {}
    for place in document.modelspace().query(f'INSERT[name=="{HOLE_BLOCK}"]'):
        x, y, z = place.dxf.insert
        found[place.get_attrib_text("HOLE")] = (x, -y, z)
    holes = drill_holes(full)
    assert found.keys() == {hole.id for hole in holes}
    for hole in holes:
        assert found[hole.id] == pytest.approx(hole.at, abs=1e-6)


def test_the_left_wall_is_up_the_page_and_the_front_wall_left(
    plain: Analysis,
) -> None:
    # the room is seen from above and not mirrored: who looks along +X has +Y left
    document = plan_file(plain)
    runs = plain.report.barn.runs
    first, second = sorted(runs, key=lambda run: run.start[1])
    holes = {hole.id: hole for hole in drill_holes(plain)}
    places = {
        p.get_attrib_text("HOLE"): p.dxf.insert
        for p in document.modelspace().query("INSERT")
    }
    left, right = (places[run.supports[0].id] for run in (first, second))
    assert left.y > right.y
    ends = [places[first.supports[k].id].x for k in (0, -1)]
    assert ends[0] < ends[1]
    assert holes


def test_dimension_texts_are_feet_and_sixteenths_of_what_they_span(
    plain: Analysis,
) -> None:
    document = plan_file(plain)
    dimensions = document.modelspace().query("DIMENSION")
    assert len(dimensions) == len([*plan_dimensions(plain)])
    for dimension in dimensions:
        spans = dimension.dxf.defpoint2, dimension.dxf.defpoint3
        upright = dimension.dxf.angle == 90.0
        length = abs(spans[1].y - spans[0].y if upright else spans[1].x - spans[0].x)
        assert dimension.dxf.text == format_length(length)
        shown = [
            t.plain_text()
            for t in dimension.virtual_entities()
            if t.dxftype() == "MTEXT"
        ]
        assert shown == [format_length(length)]


def test_layers_are_our_own(plain: Analysis) -> None:
    document = plan_file(plain)
    used = {entity.dxf.layer for entity in document.modelspace()}
    assert used
    assert all(name.startswith("LL-") for name in used)
    assert used <= {layer.dxf.name for layer in document.layers}
