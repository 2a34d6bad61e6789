"""`liftlane walk`: a film of a walk through the room while the runs sink."""

import argparse

from viewer.cli.picture_options import (
    Teller,
    add_samples,
    check_folder,
    opened_subject,
    size,
)

__all__ = ["add", "run"]


def add(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command and its options."""
    command = commands.add_parser(
        "walk", help="film a walk along the alley while the runs sink"
    )
    command.add_argument("barn", metavar="BARN", help="a barn file")
    command.add_argument(
        "--out", required=True, metavar="FILE", help="a .webp, .gif or .mp4 file"
    )
    command.add_argument(
        "--through",
        metavar="NAME,NAME,...",
        help="eye points to walk through; left out, the alley",
    )
    command.add_argument(
        "--seconds", type=float, default=8.0, help="length of the film"
    )
    command.add_argument("--rate", type=float, default=10.0, help="pictures a second")
    command.add_argument("--size", type=size, default=(640, 400), metavar="WxH")
    add_samples(command, 6)
    command.set_defaults(run=run)


def run(parsed: argparse.Namespace) -> int:
    """Take the walk, write the film and return the exit code."""
    from core.outputs.files import write_bytes
    from core.picture.eyes import eye_named
    from core.picture.film import film_bytes, film_kind
    from core.picture.walk import Walk, alley_path, take_walk

    kind = film_kind(parsed.out)
    check_folder(parsed.out)
    subject = opened_subject(parsed.barn)
    path = alley_path(subject.barn)
    if parsed.through:
        names = [name.strip() for name in parsed.through.split(",")]
        path = tuple(eye_named(subject.barn, name) for name in names)
    width, height = parsed.size
    walk = Walk(
        path=path,
        seconds=parsed.seconds,
        rate=parsed.rate,
        width=width,
        height=height,
        samples=parsed.samples,
    )
    frames = take_walk(subject, walk, watch=Teller())
    write_bytes(parsed.out, film_bytes(frames, rate=walk.rate, kind=kind))
    return 0
