"""`liftlane picture`: the room as the customer would see it, as a PNG file."""

import argparse
from dataclasses import replace

from viewer.cli.picture_options import (
    Teller,
    add_samples,
    check_folder,
    eye_from,
    opened_subject,
    point,
    size,
)

__all__ = ["add", "run"]


def add(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command and its options."""
    command = commands.add_parser(
        "picture", help="take a picture of the room for the customer"
    )
    command.add_argument("barn", metavar="BARN", help="a barn file")
    command.add_argument("--out", required=True, metavar="PNG", help="where it goes")
    command.add_argument(
        "--eye",
        metavar="NAME|x,y,z",
        help="an eye point of the barn file, main-door, mid-alley, above-the-pens, "
        "or a place",
    )
    command.add_argument("--look", type=point, metavar="x,y,z", help="what it looks at")
    command.add_argument(
        "--lift", type=float, default=0.0, help="0 at working height, 1 stowed"
    )
    command.add_argument("--size", type=size, default=(1280, 720), metavar="WxH")
    command.add_argument("--show", choices=("clashes",), help="mark what clashes")
    command.add_argument("--animals", action="store_true", help="pigs, for scale")
    add_samples(command, 16)
    command.set_defaults(run=run)


def run(parsed: argparse.Namespace) -> int:
    """Take the picture, write it and return the exit code."""
    from core.outputs.files import write_bytes
    from core.picture.picture import Shot, png_bytes, take_picture

    check_folder(parsed.out)
    subject = opened_subject(parsed.barn, animals=int(parsed.animals))
    eye = eye_from(subject, parsed.eye, parsed.look)
    width, height = parsed.size
    shot = replace(
        Shot.of(eye, width=width, height=height, lift=parsed.lift),
        samples=parsed.samples,
        clashes=int(parsed.show == "clashes"),
    )
    write_bytes(parsed.out, png_bytes(take_picture(subject, shot, watch=Teller())))
    return 0
