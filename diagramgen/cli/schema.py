"""``schema``: the JSON Schema that editors complete and check a build file with."""

from __future__ import annotations

from pathlib import Path

import click

from diagramgen.cli.saying import say_json, write_files


@click.command()
@click.option("--out", type=click.Path(path_type=Path), default=None,
              help="File to write. Default: the standard output.")
def schema(out: Path | None) -> None:
    """Write the JSON Schema of the build file.

    \b
    Example:
      diagramgen schema --out build.schema.json
    Then begin a build file with the line
      # yaml-language-server: $schema=build.schema.json
    """
    import json

    from diagramgen.build.schema import build_schema

    if out is None:
        say_json(build_schema())
        return
    text = json.dumps(build_schema(), indent=2, ensure_ascii=False) + "\n"
    write_files(out.parent, {out.name: text.encode()})
    click.echo(str(out))
