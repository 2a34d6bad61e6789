"""Every action of the window, as rows of one table."""

from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING

from core.drawing.records import SUPPLY, SWITCH
from core.model import edits
from core.placement.building import truss_stations
from core.rules.finding import Outcome
from viewer.app.actions import Action, always
from viewer.app.outgoing import Outgoing
from viewer.app.pictures import Pictures
from viewer.panels.changing import new_ids
from viewer.paper.sheets.made import ViewKind
from viewer.preferences import Preferences, Scheme, Units
from viewer.session import Session

if TYPE_CHECKING:
    from viewer.app.window import MainWindow

__all__ = ["MENUS", "action_rows"]

MENUS = ("&File", "&Edit", "&View", "&Lift", "Fi&ndings", "&Pictures", "&Help")
FILE, EDIT, VIEW, LIFT, FINDINGS, PICTURES, HELP = MENUS

_COPY_STEP = (24.0, 24.0, 0.0)  # from an object to its duplicate [in]
_LIFT_STEP = 0.05  # [-]
_ASKS = (Outcome.STOP, Outcome.CAUTION)


def action_rows(window: "MainWindow") -> tuple[Action, ...]:
    """Return the table for a window."""
    return (
        *_file_rows(window),
        *_edit_rows(window.session),
        *_panel_rows(window),
        *_view_rows(window),
        *_lift_rows(window),
        *_finding_rows(window.session),
        *_picture_rows(window.pictures),
        Action(
            id="help.keys",
            menu=HELP,
            title="&Keys",
            keys=("F1",),
            call=window.show_keys,
            tip="List every key",
        ),
        Action(
            id="help.page",
            menu=HELP,
            title="&Cautions and how to",
            keys=("Shift+F1",),
            call=window.show_help,
        ),
    )


def _panel_rows(window: "MainWindow") -> Iterator[Action]:
    objects = window.panels.objects
    yield Action(
        id="edit.array",
        menu=EDIT,
        title="A&rray along a line...",
        keys=("Ctrl+Shift+D",),
        call=objects.array,
        when=_has_selection,
        tip="Copy what is chosen along a line",
        starts_group=True,
    )
    yield Action(
        id="edit.rename",
        menu=EDIT,
        title="Re&name",
        keys=("F2",),
        call=objects.rename,
        when=_has_selection,
        tip="Give what is chosen another id",
    )
    yield Action(
        id="edit.preferences",
        menu=EDIT,
        title="&Preferences...",
        keys=("Ctrl+,",),
        call=window.show_preferences,
        tip="Units, colours and text size",
        starts_group=True,
    )


def _file_rows(window: "MainWindow") -> Iterator[Action]:
    yield Action(
        id="file.new",
        menu=FILE,
        title="&New room...",
        keys=("Ctrl+N",),
        call=window.ask_new,
    )
    yield Action(
        id="file.open",
        menu=FILE,
        title="&Open...",
        keys=("Ctrl+O",),
        call=window.ask_open,
    )
    yield Action(
        id="file.start",
        menu=FILE,
        title="Start pa&ge",
        call=window.show_start,
        tip="Recent files and samples",
    )
    yield Action(
        id="file.save", menu=FILE, title="&Save", keys=("Ctrl+S",), call=window.save
    )
    yield Action(
        id="file.save-as",
        menu=FILE,
        title="Save &as...",
        keys=("Ctrl+Shift+S",),
        call=window.ask_save_as,
    )
    yield from _outgoing_rows(window.outgoing)
    yield Action(
        id="file.quit",
        menu=FILE,
        title="&Quit",
        keys=("Ctrl+Q",),
        call=window.close,
        starts_group=True,
    )


def _outgoing_rows(outgoing: Outgoing) -> Iterator[Action]:
    yield from _sheet_rows(outgoing)
    yield from _drawing_rows(outgoing)
    yield Action(
        id="file.data",
        menu=FILE,
        title="&Data to a file...",
        call=outgoing.ask_data,
        tip="Write barn, report and tables as JSON",
    )


def _sheet_rows(outgoing: Outgoing) -> Iterator[Action]:
    for name, title, key, call, tip in (
        (
            "sheets",
            "&Job sheets to a folder...",
            "Ctrl+E",
            outgoing.ask_sheets,
            "Write the installer's set, reports, tables and drawings",
        ),
        (
            "preview",
            "Print pre&view...",
            "Ctrl+Shift+P",
            outgoing.show_preview,
            "Look at the installer's set as it will be printed",
        ),
        (
            "print",
            "&Print the installer's set...",
            "Ctrl+P",
            outgoing.print_set,
            "Choose a printer for the installer's set",
        ),
        (
            "report",
            "Findings &report...",
            "Ctrl+R",
            outgoing.ask_report,
            "Write the findings report as PDF or CSV",
        ),
    ):
        yield Action(
            id=f"file.{name}",
            menu=FILE,
            title=title,
            keys=(key,),
            call=call,
            tip=tip,
            starts_group=name == "sheets",
        )


def _drawing_rows(outgoing: Outgoing) -> Iterator[Action]:
    for kind, title in (
        (ViewKind.PLAN, "P&lan to a file..."),
        (ViewKind.SECTION, "Se&ction to a file..."),
        (ViewKind.LONG_SECTION, "Long sec&tion to a file..."),
    ):
        yield Action(
            id=f"file.{kind.name.lower().replace('_', '-')}",
            menu=FILE,
            title=title,
            call=partial(outgoing.ask_view, kind),
            tip=f"Write the {kind} as it is seen now as SVG, PNG or DXF",
            when=_has_run if kind is ViewKind.LONG_SECTION else always,
            starts_group=kind is ViewKind.PLAN,
        )


def _edit_rows(session: Session) -> Iterator[Action]:
    yield Action(
        id="edit.undo",
        menu=EDIT,
        title="&Undo",
        keys=("Ctrl+Z",),
        call=session.undo,
        when=lambda s: bool(s.undo_name),
    )
    yield Action(
        id="edit.redo",
        menu=EDIT,
        title="&Redo",
        keys=("Ctrl+Shift+Z", "Ctrl+Y"),
        call=session.redo,
        when=lambda s: bool(s.redo_name),
    )
    yield Action(
        id="edit.duplicate",
        menu=EDIT,
        title="&Duplicate",
        keys=("Ctrl+D",),
        call=partial(_duplicate, session),
        when=_has_selection,
        tip="Put a copy of what is chosen beside it",
        starts_group=True,
    )
    yield Action(
        id="edit.delete",
        menu=EDIT,
        title="De&lete",
        keys=("Del", "Backspace"),
        call=partial(_delete, session),
        when=_has_selection,
        tip="Take what is chosen out of the barn",
    )
    yield Action(
        id="edit.choose-all",
        menu=EDIT,
        title="Choose &all",
        keys=("Ctrl+A",),
        call=partial(_choose_all, session),
        starts_group=True,
    )
    yield Action(
        id="edit.choose-none",
        menu=EDIT,
        title="Choose &nothing",
        keys=("Ctrl+Shift+A",),
        call=partial(session.select, ()),
        when=_has_selection,
    )


def _has_selection(session: Session) -> bool:
    return bool(session.selection)


def _delete(session: Session) -> None:
    ids = session.selection
    name = f"Delete {ids[0]}" if len(ids) == 1 else f"Delete {len(ids)} objects"
    session.ask(name, partial(edits.delete_objects, ids=ids))


def _duplicate(session: Session) -> None:
    """Copy what is chosen beside it and choose the copies, runs without supports."""
    ids = [each for each in session.selection if each not in (SUPPLY, SWITCH)]
    before = session.document
    edit = partial(edits.copy_objects, ids=ids, by=_COPY_STEP)
    if session.ask(f"Duplicate {', '.join(ids)}", edit):
        made = new_ids(before, session.document)
        runs = [run for run in session.document.runs if run.id in made]
        inner = {support.id for run in runs for support in run.supports}
        session.select(each for each in made if each not in inner)


def edits_ids(session: Session) -> tuple[str, ...]:
    """Return the ids of the fixtures and runs of the document."""
    barn = session.document
    return (*(each.id for each in barn.fixtures), *(run.id for run in barn.runs))


def _choose_all(session: Session) -> None:
    session.select(edits_ids(session))


def _view_rows(window: "MainWindow") -> Iterator[Action]:
    for name, title, key, call in (
        ("fit", "&Fit all views", "F", window.fit),
        ("zoom-in", "Zoom &in", "Ctrl++", partial(window.zoom, 1.25)),
        ("zoom-out", "Zoom &out", "Ctrl+-", partial(window.zoom, 0.8)),
    ):
        yield Action(id=f"view.{name}", menu=VIEW, title=title, keys=(key,), call=call)
    session = window.session
    for name, title, key, way in (
        ("back", "Cut one truss &back", "[", -1),
        ("ahead", "Cut one truss a&head", "]", 1),
    ):
        yield Action(
            id=f"cut.{name}",
            menu=VIEW,
            title=title,
            keys=(key,),
            call=partial(_move_cut, session, way),
            starts_group=way < 0,
        )
    yield Action(
        id="view.record",
        menu=VIEW,
        title="Commissioning &record",
        keys=("F7",),
        call=window.panels.show_record,
        tip="Type what was measured on site",
        starts_group=True,
    )
    yield from _look_rows(window)


def _look_rows(window: "MainWindow") -> Iterator[Action]:
    preferences = window.preferences
    for scheme, words in (
        (Scheme.SYSTEM, "Colours of the system"),
        (Scheme.LIGHT, "Light"),
        (Scheme.DARK, "Dark"),
    ):
        yield Action(
            id=f"colours.{scheme}",
            menu=VIEW,
            title=words,
            call=partial(_set_scheme, preferences, scheme),
            is_checked=partial(_is_scheme, preferences, scheme),
            starts_group=scheme is Scheme.SYSTEM,
        )
    for units, words in (
        (Units.JOB, "Lengths as the job says"),
        (Units.FEET, "Lengths in feet and inches"),
        (Units.MILLIMETRES, "Lengths in millimetres"),
    ):
        yield Action(
            id=f"lengths.{units}",
            menu=VIEW,
            title=words,
            call=partial(_set_units, preferences, units),
            is_checked=partial(_is_units, preferences, units),
            starts_group=units is Units.JOB,
        )


def _set_scheme(preferences: Preferences, scheme: Scheme) -> None:
    preferences.scheme = scheme


def _is_scheme(preferences: Preferences, scheme: Scheme) -> bool:
    return preferences.scheme is scheme


def _set_units(preferences: Preferences, units: Units) -> None:
    preferences.units = units


def _is_units(preferences: Preferences, units: Units) -> bool:
    return preferences.units is units


def _move_cut(session: Session, way: int) -> None:
    """Move the cut to the next truss, or by 4 ft where there is none."""
    places = [truss.x for truss in truss_stations(session.document.room)]
    ahead = [x for x in places if (x - session.cut) * way > 1e-6]
    nearest = min(ahead, key=lambda x: abs(x - session.cut), default=None)
    session.set_cut(session.cut + 48.0 * way if nearest is None else nearest)


def _lift_rows(window: "MainWindow") -> Iterator[Action]:
    session = window.session
    yield Action(
        id="lift.sweep",
        menu=LIFT,
        title="&Sweep or hold",
        keys=("Space",),
        call=window.lift_panel.toggle,
        tip="Move all runs through their travel and back",
        when=_has_run,
    )
    for name, title, keys, call in (
        (
            "working",
            "To &working height",
            "Shift+PgDown",
            partial(session.set_lift, 0.0),
        ),
        ("stowed", "To &stowed height", "Shift+PgUp", partial(session.set_lift, 1.0)),
        ("up", "A little &up", "PgUp", partial(_lift_by, session, _LIFT_STEP)),
        ("down", "A little &down", "PgDown", partial(_lift_by, session, -_LIFT_STEP)),
    ):
        yield Action(
            id=f"lift.{name}",
            menu=LIFT,
            title=title,
            keys=(keys,),
            call=call,
            when=_has_run,
        )


def _has_run(session: Session) -> bool:
    return session.run is not None


def _lift_by(session: Session, step: float) -> None:
    session.set_lift(session.lift + step)


def _finding_rows(session: Session) -> Iterator[Action]:
    for name, title, key, way in (
        ("next", "&Next", "F8", 1),
        ("previous", "&Previous", "Shift+F8", -1),
    ):
        yield Action(
            id=f"finding.{name}",
            menu=FINDINGS,
            title=title,
            keys=(key,),
            call=partial(_go_to_finding, session, way),
            tip=f"Bring every view to the {name} finding that asks for something",
            when=_has_findings,
        )


def _picture_rows(pictures: Pictures) -> Iterator[Action]:
    for name, title, key, call, tip in (
        (
            "room",
            "&Picture of the room...",
            ("Ctrl+I",),
            pictures.ask_picture,
            "Write a picture of the room from a place in it",
        ),
        (
            "before-after",
            "&Before and after...",
            (),
            pictures.ask_sheet,
            "Write working, stowed and the worst clash side by side",
        ),
        (
            "walk",
            "&Walk through the room...",
            (),
            pictures.ask_walk,
            "Write a film of a walk while the runs sink to working height",
        ),
        (
            "phone",
            "&Model for a phone...",
            (),
            pictures.ask_model,
            "Write the room with its lift as one file that a phone shows",
        ),
    ):
        yield Action(
            id=f"picture.{name}",
            menu=PICTURES,
            title=title,
            keys=key,
            call=call,
            tip=tip,
        )


def _numbers(session: Session) -> list[int]:
    findings = session.report.findings if session.report else ()
    return [n for n, each in enumerate(findings, 1) if each.outcome in _ASKS]


def _has_findings(session: Session) -> bool:
    return bool(_numbers(session))


def _go_to_finding(session: Session, way: int) -> None:
    numbers = _numbers(session)
    if not numbers:
        return
    now = session.finding
    place = numbers.index(now) + way if now in numbers else (0 if way > 0 else -1)
    session.show_finding(numbers[place % len(numbers)])
