"""`liftlane before-after`: working, stowed and the worst clash on one sheet."""

import argparse

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
        "before-after",
        help="show working and stowed, and the worst clash, side by side",
    )
    command.add_argument("barn", metavar="BARN", help="a barn file")
    command.add_argument(
        "--out", required=True, metavar="FILE", help="a .png or .pdf file"
    )
    command.add_argument("--eye", metavar="NAME|x,y,z", help="as in `picture`")
    command.add_argument("--look", type=point, metavar="x,y,z")
    command.add_argument(
        "--size",
        type=size,
        default=(960, 640),
        metavar="WxH",
        help="of each picture, 960x640 unless given",
    )
    add_samples(command, 16)
    command.set_defaults(run=run)


def run(parsed: argparse.Namespace) -> int:
    """Take the pictures, write the sheet and return the exit code."""
    from core.outputs.files import write_bytes
    from core.picture.sheet import compare, sheet_bytes, sheet_kind

    kind = sheet_kind(parsed.out)
    check_folder(parsed.out)
    subject = opened_subject(parsed.barn)
    width, height = parsed.size
    pixels = compare(
        subject,
        eye_from(subject, parsed.eye, parsed.look),
        width=width,
        height=height,
        samples=parsed.samples,
        watch=Teller(),
    )
    title = subject.barn.name
    write_bytes(parsed.out, sheet_bytes(pixels, kind=kind, title=title))
    return 0
