"""`quietcrank report`: one page, and a PDF, that show a design whole."""

import sys
from pathlib import Path

import click

from designs import status
from designs.command import VERSION, files, inputs
from designs.pages.printing import PAPERS, print_page


@click.command(name="report")
@click.argument("designs", nargs=-1, metavar="[DESIGN]...")
@click.option("-o", "--output", required=True, metavar="FILE.html", help="Write the page to this file.")
@click.option("--pdf", metavar="FILE.pdf", help="Also print the page to a PDF, with a browser of this machine.")
@click.option(
    "--paper", type=click.Choice(PAPERS, False), default=PAPERS[0], show_default=True, help="Paper of the PDF."
)
@click.option("--force", is_flag=True, help="Replace files that exist.")
@inputs.options
@inputs.units
def command(
    designs: tuple[str, ...],
    output: str,
    pdf: str | None,
    paper: str,
    force: bool,
    option: str | None,
    allow_above: bool,
) -> None:
    """Show the first DESIGN whole on one page: verdict, moving mechanism, pictures, tables and worked formulas.

    Further designs, and the redesigns in their files, are set beside it; with --option, that redesign is shown whole
    and set beside what it changes. The page needs no network and no other file. Its first printed sheet is whole in
    itself; an appendix follows, the rest is for the screen. Exit status 0: written; 2: a design could not be read, or a
    file could not be written.
    """
    page_file, pdf_file = files.free(output, force, (".html", ".htm")), files.free(pdf, force, (".pdf",))
    paths = [Path(each) for each in designs] or [inputs.DEMO]
    first = inputs.one(str(paths[0]), option, allow_above)
    # All that is heavy is loaded once the names of the files are known to be good.
    from designs.evaluate import evaluate_finely
    from designs.options.comparing import Candidate, gather
    from designs.pages.content import Source, content
    from designs.pages.page import page

    wanted = () if option is None else (option,)
    beside = gather(paths, wanted, allow_above) if len(paths) > 1 or wanted else []
    same = beside[0] if beside and option is None else None
    evaluation = same.evaluation if isinstance(same, Candidate) else evaluate_finely(first.design)
    made = content(first.name, evaluation, Source(first.path, option), beside)
    text = page(made, VERSION)
    if page_file is not None:
        files.write_text(page_file, text, force)
        click.echo(f"wrote {page_file}")
    if pdf_file is not None:
        files.write(pdf_file, lambda part: print_page(text, part, paper), force)
        click.echo(f"wrote {pdf_file}")
    inputs.tell(each.why for each in made.faulty)
    sys.exit(status.BAD_INPUT if made.faulty else 0)
