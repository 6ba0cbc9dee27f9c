"""``start``: a commented build to begin from, out of a sample or of ready groups."""

from __future__ import annotations

from pathlib import Path

import click

from diagramgen.console.completion import complete_start
from diagramgen.console.report import fail, print_json, write_files


@click.command()
@click.argument("names", metavar="NAME...", nargs=-1, shell_complete=complete_start)
@click.option("--out", type=click.Path(path_type=Path), default=None,
              help="File to write; one that is there is never written over. Default: the standard output.")
@click.option("--ask", "by_asking", is_flag=True,
              help="Answer questions about instrument, cavity, parts and controls; the build is made of the answers.")
@click.option("--title", default="", help="Title of the new build.")
@click.option("--list", "as_list", is_flag=True, help="List what there is to begin from.")
@click.option("--json", "as_json", is_flag=True, help="With --list: as JSON.")
def start(
    names: tuple[str, ...], out: Path | None, by_asking: bool, title: str, as_list: bool, as_json: bool
) -> None:
    """Write a build file to begin from: the sample NAME, ready groups joined to one another, or the usual wiring of
    the parts named in a short interview (--ask).

    \b
    Examples:
      diagramgen start --list
      diagramgen start one-volume --out my.yaml
      diagramgen start single-coil volume tone-branch output string-ground --out my.yaml
    By questions and answers: diagramgen start --ask --out my.yaml
    Then mend it to what is on the bench, and: diagramgen print my.yaml
    """
    from diagramgen.features.interview.starter import CannotStart, start_text

    if as_list:
        _list(as_json)
        return
    if by_asking:
        if names or title:
            raise click.UsageError("--ask takes no NAME and no --title: it asks for both")
        from diagramgen.features.interview.dialogue import ask

        ask(out)
        return
    try:
        text = start_text(names, title)
    except CannotStart as fault:
        raise click.UsageError(f"{fault}. {fault.remedy}".rstrip()) from fault
    if out is None:
        click.echo(text, nl=False)
        return
    # A build file is the technician's own work: it is not written over, whatever is asked.
    if out.exists():
        fail(f"error: {out} is there already and is not written over", remedy="Choose another name with --out.")
    write_files(out.parent, {out.name: text.encode()})
    click.echo(str(out))


def _list(as_json: bool) -> None:
    from diagramgen.features.interview.starter import sample_names
    from diagramgen.kernel.diagnostics import Diagnostics
    from diagramgen.reader.groups import ready_files, ready_group

    samples = {name: _sample_about(name) for name in sample_names()}
    read = {name: ready_group(name, Diagnostics()) for name in ready_files()}
    groups = {name: str(values.get("about", "")) if values else "" for name, values in read.items()}
    if as_json:
        print_json({"samples": samples, "groups": groups})
        return
    wide = max(len(name) for name in (*samples, *groups))
    for head, found in (("samples: one name", samples), ("ready groups: as many as the job has", groups)):
        click.echo(head)
        for name, about in found.items():
            click.echo(f"  {name:<{wide}}  {about}")


def _sample_about(name: str) -> str:
    """The sentence a sample says of itself: its first comment that speaks to people."""
    from diagramgen.kernel import resources

    with (resources.folder("samples") / f"{name}.yaml").open(encoding="utf-8") as lines:
        said = (line[1:].strip() for line in lines if line.startswith("#"))
        return next((text for text in said if not text.startswith("yaml-language-server")), "")
