"""The command line: serve, migrate, copy, make a key, load the demo scenario, run the demo.

Each command imports what it needs when it runs: together the libraries take two seconds.
"""

import socket
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Annotated, NoReturn

import typer

app = typer.Typer(
    name="corewright",
    help="Parts-interchange and salvage decisions for repair shops.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
)


def _stop(message: str) -> NoReturn:
    """End with one plain line on standard error."""
    typer.echo(message, err=True)
    raise typer.Exit(1)


@app.command()
def serve(
    host: Annotated[str, typer.Option(help="Address to listen on.")] = "127.0.0.1",
    port: Annotated[int, typer.Option(min=0, max=65535, help="Port; 0: any free one.")] = 8123,
) -> None:
    """Answer requests until told to stop."""
    port = _checked_port(host, port)
    _check_migrated()
    from api.server import run_server  # noqa: PLC0415 - the whole service

    typer.echo(f"Corewright answers on http://{host}:{port} (stop with Ctrl-C)")
    sys.stdout.flush()
    run_server(host, port)


def _checked_port(host: str, port: int) -> int:
    """Return the port, free at this moment; the server itself would share a taken one."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
            probe.listen(1)
        except OSError as error:
            _stop(f"Cannot listen on {host}:{port}: {error.strerror}. Give another --port.")
        free: int = probe.getsockname()[1]
        return free


@contextmanager
def _reachable() -> Iterator[None]:
    """End with one plain line where the database does not answer."""
    from sqlalchemy.exc import (  # noqa: PLC0415
        ArgumentError,
        NoSuchModuleError,
        OperationalError,
    )

    try:
        yield
    except (ArgumentError, NoSuchModuleError):
        # Never shown: the address may hold a password.
        _stop("DATABASE_URL is not an address of a database, such as sqlite:///var/corewright.db")
    except OperationalError as error:
        reason = (str(error.orig).strip().splitlines() or ["it does not answer"])[0]
        _stop(f"The database cannot be used: {reason}")


def _check_migrated() -> None:
    from db.engine import database_url  # noqa: PLC0415
    from db.migrate import current, newest  # noqa: PLC0415

    with _reachable():
        found = current(database_url())
    if found is None:
        _stop("The database has no tables yet. Run: corewright migrate")
    if found != newest():
        _stop(
            f"The database has the schema {found}, this version needs {newest()}."
            " Run: corewright migrate"
        )


@app.command()
def migrate() -> None:
    """Bring the database to the newest schema."""
    from db.engine import database_url  # noqa: PLC0415
    from db.migrate import upgrade  # noqa: PLC0415

    with _reachable():
        upgrade(database_url())
    typer.echo("The database has the newest schema.", err=True)


@app.command()
def copy(
    source: Annotated[str, typer.Option("--from", help="Database to read, as DATABASE_URL.")],
    target: Annotated[str, typer.Option("--to", help="Migrated, empty database to fill.")],
) -> None:
    """Copy all records into an empty database, as from SQLite to PostgreSQL; all or nothing."""
    from db.engine import with_driver  # noqa: PLC0415
    from db.transfer import CopyRefused, copy_database  # noqa: PLC0415

    try:
        with _reachable():
            counts = copy_database(with_driver(source), with_driver(target))
    except CopyRefused as error:
        _stop(str(error))
    for table, rows in counts.items():
        typer.echo(f"{rows:>9}  {table}")
    typer.echo(f"Copied and read back equal: {sum(counts.values())} rows.", err=True)


@app.command("make-key")
def make_key(
    shop: Annotated[str, typer.Option(help="Name of the shop; made if there is none.")],
    role: Annotated[str, typer.Option(help="admin (reads and writes) or reader.")] = "admin",
) -> None:
    """Make a key for a shop and print it, alone, on standard output; it is shown this once."""
    typer.echo(new_key(shop, role))


def new_key(shop: str, role: str) -> str:
    """Make a key in the database of the environment and return it."""
    _check_migrated()
    from api.schemas.base import clean_text  # noqa: PLC0415
    from db.engine import Sessions, database_url, make_engine  # noqa: PLC0415
    from db.queries.access import ROLES, make_shop_and_key  # noqa: PLC0415

    if role not in ROLES:
        _stop(f"There is no role {role}; give one of: {', '.join(ROLES)}.")
    try:
        name = clean_text(shop, 200)
    except ValueError as error:
        _stop(f"The name of the shop cannot be taken: {error}")
    sessions = Sessions(make_engine(database_url()))
    try:
        _, token = sessions.write(lambda session: make_shop_and_key(session, name, role))
    finally:
        sessions.close()
    return token


@app.command("load-demo")
def load_demo(
    url: Annotated[
        str | None, typer.Option(help="A running server; none: one is started for the load.")
    ] = None,
    key: Annotated[
        str | None, typer.Option(envvar="CW_KEY", help="Key of the shop to load into.")
    ] = None,
    shop: Annotated[
        str, typer.Option(help="Shop to make a key for, where no key is given.")
    ] = "Timber Yard Workshop",
) -> None:
    """Load the invented scenario, record by record over HTTP; print the key used, alone."""
    from api.demo.load import LoadRefused  # noqa: PLC0415
    from api.demo.server import ServerFailed  # noqa: PLC0415

    if url is not None and key is None:
        _stop("Give --key (or CW_KEY) with --url: the key of the shop to load into.")
    import httpx  # noqa: PLC0415

    token = key or new_key(shop, "admin")
    try:
        count = _load(url, token)
    except (LoadRefused, ServerFailed) as error:
        _stop(str(error))
    except (httpx.HTTPError, httpx.InvalidURL) as error:
        _stop(f"The server at {url or 'loopback'} does not answer: {error}")
    typer.echo(f"Loaded {count} records.", err=True)
    typer.echo(token)


def _load(url: str | None, token: str) -> int:
    import tempfile  # noqa: PLC0415
    from pathlib import Path  # noqa: PLC0415

    import httpx  # noqa: PLC0415

    from api.demo.load import load_scenario  # noqa: PLC0415
    from api.demo.server import running_server  # noqa: PLC0415
    from db.engine import database_url  # noqa: PLC0415

    def load_into(base_url: str) -> int:
        headers = {"Authorization": f"Bearer {token}"}
        with httpx.Client(base_url=base_url, headers=headers, timeout=60) as client:
            return len(load_scenario(client))

    if url is not None:
        return load_into(url)
    with (
        tempfile.TemporaryDirectory() as folder,
        running_server(database_url(), token, Path(folder) / "server.log") as base_url,
    ):
        return load_into(base_url)


@app.command()
def demo() -> None:
    """Run the invented job from end to end and print its decision."""
    from api.demo.run import run_demo  # noqa: PLC0415

    raise typer.Exit(run_demo() or 0)


if __name__ == "__main__":
    app()
