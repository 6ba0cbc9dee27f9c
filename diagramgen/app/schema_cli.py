"""``schema``: the JSON Schema that editors complete and check a build file with."""

from __future__ import annotations

from pathlib import Path

import click

from diagramgen.console.report import replace_option, write_one
from diagramgen.writers.overwriting import Permission


@click.command()
@click.option("--out", type=click.Path(path_type=Path), default=None,
              help="File to write. Default: the standard output.")
@replace_option
def schema(out: Path | None, replace: bool) -> None:
    """Write the JSON Schema of the build file.

    \b
    Example:
      diagramgen schema --out build.schema.json
    Then begin a build file with the line
      # yaml-language-server: $schema=build.schema.json
    """
    from diagramgen.reader.schema import schema_text

    text = schema_text()
    if out is None:
        click.echo(text, nl=False)
        return
    write_one(out, text.encode(), Permission(replace))
    click.echo(str(out))
