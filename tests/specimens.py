"""One small, sound specimen of each thing in the document, for every test.

Barn numbers are in inches and radians. `plain_barn` is a room in which all is
well: 40 x 23 ft under a level ceiling, two strips, two runs, one hoist. A test
spoils one value of it with `dataclasses.replace` or `core.model.edits`.
"""

from dataclasses import replace
from math import pi

from core.catalogue.parts import (
    Clamp,
    HandWinch,
    HvLead,
    Joint,
    MotorWinch,
    Origin,
    Part,
    Pulley,
    Rope,
    Tube,
    Wood,
)
from core.model.barn import Barn
from core.model.electrical import (
    Bond,
    Electrical,
    GroundRod,
    IsolatingSwitch,
    Jumper,
    Known,
    Lead,
    Outlet,
    Supply,
)
from core.model.fixtures import (
    Beam,
    BoxHeater,
    Camera,
    CeilingInlet,
    ChimneyFan,
    Conduit,
    Controller,
    FeedDrop,
    Feeder,
    FeedLine,
    Fixture,
    FlapSides,
    Gate,
    Light,
    MeshUp,
    PlainBox,
    PlainCapsule,
    PlainCylinder,
    PlainHull,
    PlainSphere,
    Post,
    Probe,
    Scan,
    SoakerLine,
    StirringFan,
    TubeHeater,
    TunnelFan,
    WallFan,
    WaterLine,
)
from core.model.hoists import Hoist, Parts, PullCable, RunEnd, TurningPulley, Winch
from core.model.job import (
    CommissioningRecord,
    Display,
    EyePoint,
    HeightReading,
    Job,
    Reading,
    RuleOverride,
    SideAir,
)
from core.model.room import (
    Alley,
    Bulkhead,
    Ceiling,
    Door,
    DoorSwing,
    FlatCeiling,
    GableCeiling,
    Pen,
    Room,
    SlopedCeiling,
    StepAxis,
    SteppedCeiling,
    Strip,
    Trusses,
    Ventilation,
    Wall,
)
from core.model.runs import PointDirection, PointRow, Run, Support
from core.quantities import LengthUnit

__all__ = [
    "CEILINGS",
    "FIXTURES",
    "OWN_PARTS",
    "full_barn",
    "plain_barn",
    "plain_hoist",
    "plain_room",
    "plain_run",
]

CEILING = 100.0  # [in]
LENGTH, WIDTH = 480.0, 276.0  # [in]
PEN_LENGTH = 99.0  # [in]
PULLEY_HEIGHT = CEILING - 2.5  # [in], as the drop pulleys hang
METAL = ("light", "feed-line", "wall-fan", "probe", "controller")

CEILINGS: dict[str, Ceiling] = {
    "flat": FlatCeiling(height=CEILING),
    "mono-slope": SlopedCeiling(left=100.0, right=112.0),
    "gable": GableCeiling(eave=96.0, ridge=120.0, ridge_y=138.0),
    "stepped": SteppedCeiling(
        axis=StepAxis.ALONG, starts=(0.0, 240.0), heights=(100.0, 94.0)
    ),
}

FIXTURES: dict[str, Fixture] = {
    fixture.kind: fixture
    for fixture in (
        CeilingInlet(
            id="inlet-1",
            name="inlet by the left wall",
            x=240.0,
            y=24.0,
            length=24.0,
            width=16.0,
            drop=2.0,
            flap=8.0,
            flap_sides=FlapSides.BOTH,
            opening=pi / 3,
        ),
        Light(id="light-1", x=120.0, y=138.0, length=48.0, width=6.0, depth=4.0),
        FeedLine(
            id="feed-line-1",
            path=((12.0, 10.0, 86.0), (468.0, 10.0, 86.0)),
            diameter=3.0,
        ),
        FeedDrop(
            id="feed-drop-1", x=100.0, y=10.0, top=86.0, bottom=30.0, diameter=2.5
        ),
        Feeder(id="feeder-1", x=100.0, y=12.0, length=24.0, width=18.0, height=32.0),
        WaterLine(
            id="water-line-1",
            path=((12.0, 116.0, 24.0), (240.0, 116.0, 24.0), (240.0, 110.0, 18.0)),
            diameter=1.0,
        ),
        SoakerLine(
            id="soaker-line-1",
            path=((12.0, 112.0, 92.0), (300.0, 112.0, 92.0)),
            diameter=1.0,
        ),
        Conduit(
            id="conduit-1",
            path=((2.0, 272.0, 90.0), (470.0, 272.0, 90.0)),
            diameter=0.922,
        ),
        TubeHeater(
            id="tube-heater-1",
            start=(60.0, 138.0, 88.0),
            end=(300.0, 138.0, 88.0),
            width=12.0,
            depth=8.0,
        ),
        BoxHeater(
            id="box-heater-1",
            x=430.0,
            y=138.0,
            z=70.0,
            length=30.0,
            width=20.0,
            height=22.0,
            heading=pi / 2,
        ),
        WallFan(
            id="wall-fan-1",
            wall=Wall.BACK,
            offset=138.0,
            z=60.0,
            diameter=24.0,
            depth=10.0,
        ),
        ChimneyFan(id="chimney-fan-1", x=240.0, y=138.0, diameter=30.0, drop=12.0),
        TunnelFan(
            id="tunnel-fan-1",
            wall=Wall.BACK,
            offset=70.0,
            z=48.0,
            diameter=50.0,
            depth=16.0,
        ),
        StirringFan(
            id="stirring-fan-1",
            x=440.0,
            y=140.0,
            z=80.0,
            diameter=20.0,
            depth=10.0,
            tilt=0.3,
        ),
        Probe(id="probe-1", x=300.0, y=100.0, cable=40.0, swing=6.0),
        Controller(
            id="controller-1",
            wall=Wall.FRONT,
            offset=210.0,
            z=48.0,
            width=16.0,
            height=20.0,
            depth=8.0,
        ),
        Post(id="post-1", x=240.0, y=120.0, width=4.0, depth=4.0),
        Beam(
            id="beam-1",
            start=(0.0, 138.0, 95.0),
            end=(480.0, 138.0, 95.0),
            width=3.0,
            depth=8.0,
        ),
        Gate(id="gate-1", x=120.0, y=120.0, length=34.0, height=36.0, swing=-pi / 2),
        Camera(id="camera-1", x=20.0, y=138.0),
        PlainBox(
            id="box-1",
            x=400.0,
            y=20.0,
            z=40.0,
            length=20.0,
            width=10.0,
            height=12.0,
            roll=0.1,
        ),
        PlainCylinder(
            id="cylinder-1",
            start=(400.0, 40.0, 0.0),
            end=(400.0, 40.0, 30.0),
            diameter=16.0,
        ),
        PlainCapsule(
            id="capsule-1",
            start=(420.0, 40.0, 80.0),
            end=(440.0, 44.0, 82.0),
            diameter=5.0,
        ),
        PlainSphere(id="sphere-1", x=450.0, y=30.0, z=60.0, diameter=9.0),
        PlainHull(
            id="hull-1",
            points=(
                (450.0, 60.0, 0.0),
                (470.0, 60.0, 0.0),
                (450.0, 90.0, 0.0),
                (450.0, 60.0, 40.0),
            ),
        ),
        Scan(
            id="scan-1",
            file="scan.stl",
            unit=LengthUnit.MILLIMETRE,
            up=MeshUp.Y,
            x=440.0,
            y=20.0,
        ),
    )
}

OWN_PARTS: tuple[Part, ...] = (
    Tube(
        id="own-tube",
        description="tube of the yard",
        source="scale and calliper",
        origin=Origin.MEASURED,
        outside_diameter=1.0,
        wall=0.065,
        weight_per_foot=0.65,
    ),
    Joint(id="own-joint", length=2.0, weight=0.3, rotational_stiffness=None),
    Pulley(
        id="own-pulley",
        kind="drop-pulley",
        rating=60.0,
        pitch_radius=0.9,
        pin_radius=0.2,
        friction_ratio=1.08,
        hang=1.5,
        largest_rope=0.25,
        weight=0.3,
    ),
    Rope(
        id="own-cord",
        kind="cord",
        diameter=0.1875,
        breaking_strength=800.0,
        weight_per_foot=0.012,
        axial_stiffness=4000.0,
        termination_efficiency=0.5,
    ),
    Clamp(id="own-clamp", length=2.0, radius=0.5, largest_rope=0.25, weight=0.1),
    HandWinch(
        id="own-winch",
        first_layer_pull=900.0,
        core_diameter=2.0,
        drum_width=3.0,
        flange_diameter=6.0,
        layers=4,
        largest_rope=0.25,
        weight=12.0,
        gear_ratio=4.0,
        handle_radius=9.0,
        efficiency=0.8,
    ),
    MotorWinch(
        id="own-motor-winch",
        first_layer_pull=900.0,
        core_diameter=2.0,
        drum_width=3.0,
        flange_diameter=6.0,
        layers=4,
        largest_rope=0.25,
        weight=30.0,
        line_speed=2.0,
    ),
    HvLead(
        id="own-lead",
        rated_voltage=40_000.0,
        outside_diameter=0.3,
        bend_radius=3.0,
        weight_per_foot=0.05,
        capacitance_per_foot=25.0,
    ),
    Wood(id="own-wood", specific_gravity=0.46),
)


def plain_room() -> Room:
    """Two strips of four pens, an alley between, a bare floor at the back."""
    return Room(
        length=LENGTH,
        width=WIDTH,
        ceiling=CEILINGS["flat"],
        trusses=Trusses(spacing=48.0),
        strips=(_strip("strip-1", 0.0), _strip("strip-2", 156.0)),
        pens=tuple(
            _pen(number, PEN_LENGTH * (number % 4), 0.0 if number < 4 else 156.0)
            for number in range(8)
        ),
        alleys=(Alley(id="alley-1", x=0.0, y=120.0, length=LENGTH, width=36.0),),
        doors=(
            Door(id="door-1", wall=Wall.FRONT, offset=120.0, width=36.0, main=True),
        ),
    )


def _strip(name: str, y: float) -> Strip:
    return Strip(id=name, x=0.0, y=y, length=4 * PEN_LENGTH, width=120.0)


def _pen(number: int, x: float, y: float) -> Pen:
    far = x + PEN_LENGTH
    corners = ((x, y), (far, y), (far, y + 120.0), (x, y + 120.0))
    strip = "strip-1" if number < 4 else "strip-2"
    return Pen(id=f"pen-{number + 1}", outline=corners, strip=strip)


def plain_run(number: int = 1, *, y: float = 60.0) -> Run:
    """Three sticks on three supports under trusses 12 ft apart."""
    return Run(
        id=f"run-{number}",
        name=f"run {number}",
        strip=f"strip-{number}",
        start=(24.0, y),
        end=(384.0, y),
        supports=tuple(
            Support(
                id=f"support-{number}-{index + 1}", station=station, pulley_drop=2.5
            )
            for index, station in enumerate((24.0, 168.0, 312.0))
        ),
    )


def plain_hoist() -> Hoist:
    """Both cables leave at the back, meet, and are pulled to the front wall."""
    return Hoist(
        id="hoist-1",
        winch=Winch(at=(4.0, 114.0, 48.0), on_lumber=True),
        pull_point=(440.0, 114.0, PULLEY_HEIGHT),
        pull_towards=(12.0, 114.0, PULLEY_HEIGHT),
        cables=(
            _cable(1, ((468.0, 60.0), (468.0, 110.0))),
            _cable(2, ((468.0, 216.0), (468.0, 118.0))),
        ),
    )


def _cable(number: int, turns: tuple[tuple[float, float], ...]) -> PullCable:
    return PullCable(
        id=f"cable-{number}",
        run=f"run-{number}",
        leaves=RunEnd.BACK,
        turns=tuple(
            TurningPulley(
                id=f"turn-{number}-{index + 1}",
                at=(*place, PULLEY_HEIGHT),
                blocking=True,
            )
            for index, place in enumerate(turns)
        ),
    )


def _electrical() -> Electrical:
    return Electrical(
        supply=Supply(
            at=(2.0, 96.0, 88.0),
            outlet=Outlet(
                at=(3.0, 90.0, 88.0),
                ground_fault_protected=Known.NO,
                out_of_reach=Known.YES,
                beside_ground=Known.YES,
            ),
        ),
        switch=IsolatingSwitch(at=(-8.0, 112.0, 60.0), outside_room=Known.YES),
        leads=(
            Lead(
                id="lead-1",
                run="run-1",
                route=((2.0, 96.0, 88.0), (12.0, 60.0, 95.0)),
                free_length=54.0,
            ),
            Lead(
                id="lead-2",
                run="run-2",
                route=((2.0, 96.0, 88.0), (3.0, 180.0, 95.0), (12.0, 216.0, 95.0)),
                free_length=54.0,
            ),
        ),
        bonds=tuple(
            Bond(subject=subject, to="rod-1", conductor="6 AWG copper")
            for subject in (
                *(FIXTURES[kind].id for kind in METAL),
                "hoist-1",
            )
        ),
        rods=(GroundRod(id="rod-1", at=(-24.0, 200.0), length=96.0),),
        building_electrode=Known.YES,
    )


def plain_barn() -> Barn:
    """A sound barn: two runs over two strips, a few fixtures out of their way."""
    return Barn(
        name="plain barn",
        room=plain_room(),
        fixtures=tuple(
            FIXTURES[kind]
            for kind in (
                "inlet",
                "light",
                "feed-line",
                "wall-fan",
                "probe",
                "controller",
            )
        ),
        runs=(plain_run(1), plain_run(2, y=216.0)),
        hoists=(plain_hoist(),),
        electrical=_electrical(),
        job=Job(title="Plain barn", drawn_by="a test"),
    )


def full_barn() -> Barn:
    """Every kind of thing at least once, for files and drawings, not for checks."""
    plain = plain_barn()
    room = replace(
        plain.room,
        ceiling=CEILINGS["stepped"],
        bulkheads=(
            Bulkhead(id="bulkhead-1", x=0.0, y=0.0, length=480.0, width=6.0, depth=4.0),
        ),
        doors=(
            *plain.room.doors,
            Door(
                id="door-2",
                wall=Wall.RIGHT,
                offset=30.5,
                width=32.0,
                swing=DoorSwing.SLIDING,
            ),
        ),
        ventilation=Ventilation.TUNNEL,
    )
    run, other = plain.runs
    points = PointRow(reach=2.5, spacing=18.0, direction=PointDirection.SIDES)
    hoist = replace(
        plain.hoists[0], parts=Parts.TWO, dead_end=(12.0, 110.0, PULLEY_HEIGHT)
    )
    jumper = Jumper(
        id="jumper-1",
        from_run="run-1",
        from_station=6.0,
        to_run="run-2",
        to_station=6.0,
        length=170.0,
    )
    return replace(
        plain,
        name="full barn",
        room=room,
        fixtures=tuple(FIXTURES.values()),
        runs=(replace(run, tube="own-tube", points=points, first_joint=60.0), other),
        hoists=(hoist,),
        electrical=replace(plain.electrical, jumpers=(jumper,), voltage=25_000.0),
        job=Job(
            title="Full barn",
            number="1",
            revision="B",
            date="2026-11-24",
            display=Display.MILLIMETRES,
            side_air=SideAir(speed=100.0, gusts=False),
            overrides=(
                RuleOverride(rule="clearance.envelope", value=7.0, reason="damp room"),
            ),
        ),
        parts=OWN_PARTS,
        eyes=(
            EyePoint(id="eye-1", eye=(-60.0, 138.0, 66.0), look=(240.0, 138.0, 50.0)),
        ),
        record=CommissioningRecord(
            date="2026-11-24",
            by="a test",
            heights=(
                HeightReading(run="run-1", support="support-1-1", measured=50.25),
            ),
            readings=(Reading(id="supply-voltage", value="-25 kV"),),
        ),
    )
