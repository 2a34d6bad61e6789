"""`liftlane phone`: the room with its lift as one GLB file for any glTF viewer."""

import argparse

from viewer.cli.picture_options import Teller, check_folder

__all__ = ["add", "run"]


def add(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command and its options."""
    command = commands.add_parser(
        "phone", help="write the room and its lift as a GLB file for a phone"
    )
    command.add_argument("barn", metavar="BARN", help="a barn file")
    command.add_argument("--out", required=True, metavar="GLB", help="where it goes")
    command.set_defaults(run=run)


def run(parsed: argparse.Namespace) -> int:
    """Write the model and return the exit code."""
    from core.barnfile.files import open_barn
    from core.outputs.files import write_bytes
    from core.picture.phone import phone_model

    check_folder(parsed.out)
    opened = open_barn(parsed.barn)
    model = phone_model(opened.barn, meshes=opened.meshes, watch=Teller())
    write_bytes(parsed.out, model)
    return 0
