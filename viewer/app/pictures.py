"""What a customer gets from the window: pictures, a walk, a model for a phone."""

import math
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from core.errors import LiftlaneError
from core.model.job import EyePoint
from core.placement.ceiling import ceiling_height
from viewer.app.making import Files, Order, sentence
from viewer.app.outgoing import file_name
from viewer.app.picture_wanted import (
    PictureOffer,
    PictureWanted,
    Place,
    WalkOffer,
    WalkWanted,
)
from viewer.jobs import Ticket
from viewer.room3d.camera import FIELD, Camera

if TYPE_CHECKING:
    from viewer.app.window import MainWindow

__all__ = ["Pictures"]

_PICTURE = "Picture (*.png)"
_SHEET = "Page (*.pdf);;Picture (*.png)"
_FILM = "Animated picture (*.webp);;Animated picture (*.gif);;Film (*.mp4)"
_MODEL = "Model (*.glb)"
_VIEW = math.radians(72.0)  # from the left to the right edge [rad]
_HERE = "as-in-3-d"
_KEPT = "pictures"  # what was wanted last, in the settings
_USUAL_PICTURE, _USUAL_PANEL, _USUAL_FILM = (
    (1280, 720, 16),
    (960, 640, 16),
    (640, 400, 6),
)  # width, height [px], rays [-]


class Pictures(QObject):
    """Asks for pictures, and lets the window's maker make them.

    Made of the document as it is when asked; it can be edited on meanwhile. What makes
    them is imported only then.
    """

    def __init__(self, window: "MainWindow") -> None:
        super().__init__(window)
        self._window = window
        self._session = window.session
        self._questions = window.questions

    # ----- pictures and sheets -----

    def ask_picture(self) -> None:
        """Ask for a picture, from a named place or as the room in 3-D shows it."""
        self._ask_picture("picture of the room", _USUAL_PICTURE, self._place_picture)

    def ask_sheet(self) -> None:
        """Ask for working, stowed and the worst clash on one sheet."""
        self._ask_picture("before and after", _USUAL_PANEL, self._place_sheet, lifts=2)

    def _ask_picture(
        self,
        title: str,
        usual: tuple[int, int, int],
        answered: Callable[[PictureWanted], object],
        *,
        lifts: int = 1,
    ) -> None:
        from viewer.app.pictures_made import glimpse_made  # slow to import

        width, height, samples = self._kept(title, usual)
        places = self._places(width / height)
        first = places[0]
        wanted = PictureWanted(
            eye=first.eye,
            view=first.view,
            lift=self._session.lift if lifts == 1 else 0.0,
            width=width,
            height=height,
            samples=samples,
        )
        file = self._session.file
        offer = PictureOffer(
            title=title,
            places=places,
            wanted=wanted,
            lifts=lifts,
            glimpse=lambda shown: partial(glimpse_made, file, wanted=shown),
        )
        self._questions.picture(self._window, offer, answered)

    def _places(self, shape: float) -> tuple[Place, ...]:
        """Return where one can look from; as in 3-D first, if that is in the room."""
        from core.picture.eyes import eye_points  # slow to import

        named = tuple(
            Place(words=eye.id.replace("-", " "), eye=eye, view=_VIEW)
            for eye in eye_points(self._session.document)
        )
        camera = self._window.room_3d.camera
        if camera is None or not self._is_inside(camera):
            return named
        eye = EyePoint(id=_HERE, eye=camera.eye, look=camera.look)
        view = 2 * math.atan(math.tan(FIELD / 2) * shape)
        here = Place(words="as the room in 3-D shows it", eye=eye, view=view)
        return (here, *named)

    def _is_inside(self, camera: Camera) -> bool:
        room, (x, y, z) = self._session.document.room, camera.eye
        if not (0 < x < room.length and 0 < y < room.width):
            return False
        return 0 < z < ceiling_height(room, x, y)

    def _place_picture(self, wanted: PictureWanted) -> None:
        self._keep("picture of the room", wanted)
        self._ask_place("picture.png", _PICTURE, partial(self._write_picture, wanted))

    def _write_picture(self, wanted: PictureWanted, place: Path) -> None:
        from viewer.app.pictures_made import picture_made

        make = partial(picture_made, self._session.file, wanted=wanted)
        if place.suffix.lower() != ".png":
            words = f'"{place.name}" cannot be made. End its name with .png.'
            self._questions.tell(self._window, words)
            return
        self._write("the picture of the room", make, place)

    def _place_sheet(self, wanted: PictureWanted) -> None:
        self._keep("before and after", wanted)
        write = partial(self._write_sheet, wanted)
        self._ask_place("before and after.pdf", _SHEET, write)

    def _write_sheet(self, wanted: PictureWanted, place: Path) -> None:
        from core.picture.sheet import sheet_kind
        from viewer.app.pictures_made import sheet_made

        kind = self._kind(sheet_kind, place)
        if kind:
            file = self._session.file
            make = partial(sheet_made, file, wanted=wanted, kind=kind)
            self._write("the sheet of before and after", make, place)

    # ----- walks and models -----

    def ask_walk(self) -> None:
        """Ask for a walk through the room while the runs sink."""
        width, height, samples = self._kept("walk", _USUAL_FILM)
        wanted = WalkWanted(
            eyes=(), seconds=8.0, rate=10.0, width=width, height=height, samples=samples
        )
        eyes = tuple(eye.id for eye in self._session.document.eyes)
        offer = WalkOffer(eyes=eyes, wanted=wanted)
        self._questions.walk(self._window, offer, self._place_walk)

    def _place_walk(self, wanted: WalkWanted) -> None:
        self._keep("walk", wanted)
        self._ask_place("walk.webp", _FILM, partial(self._write_walk, wanted))

    def _write_walk(self, wanted: WalkWanted, place: Path) -> None:
        from core.picture.film import film_kind
        from viewer.app.pictures_made import walk_made

        kind = self._kind(film_kind, place)
        if kind:
            make = partial(walk_made, self._session.file, wanted=wanted, kind=kind)
            self._write("the walk through the room", make, place)

    def ask_model(self) -> None:
        """Ask where the room with its lift goes as a model for a phone."""
        self._ask_place("room.glb", _MODEL, self._write_model)

    def _write_model(self, place: Path) -> None:
        from viewer.app.pictures_made import model_made

        make = partial(model_made, self._session.file)
        self._write("the model for a phone", make, place)

    # ----- what they share -----

    def _kept(self, title: str, usual: tuple[int, int, int]) -> tuple[int, int, int]:
        """Return width, height and rays that were wanted last."""
        text = str(self._window.settings.value(f"{_KEPT}/{title}", ""))
        parts = text.split("x")
        if len(parts) != len(usual) or not all(part.isdigit() for part in parts):
            return usual
        width, height, samples = map(int, parts)
        return (width, height, samples) if width and height else usual

    def _keep(self, title: str, wanted: PictureWanted | WalkWanted) -> None:
        text = f"{wanted.width}x{wanted.height}x{wanted.samples}"
        self._window.settings.setValue(f"{_KEPT}/{title}", text)

    def _ask_place(
        self, ending: str, kinds: str, answered: Callable[[Path], object]
    ) -> None:
        path = self._session.path
        folder = path.parent if path else Path.home()
        place = folder / file_name(f"{self._session.document.name} {ending}")
        self._questions.place_to_write(self._window, place, kinds, answered)

    def _kind(self, read: Callable[[str], str], place: Path) -> str:
        """Return what kind of file a name asks for; say it if there is none."""
        try:
            return read(place.name)
        except LiftlaneError as error:
            self._questions.tell(self._window, sentence(error))
            return ""

    def _write(self, title: str, make: Callable[[Ticket], Files], place: Path) -> None:
        self._window.maker.write(Order(title=title, make=make, place=place))
