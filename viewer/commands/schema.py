"""`fullturn schema`: the JSON Schema of the engine file, so that editors complete and check it."""

from __future__ import annotations

import json

import click


@click.command("schema")
def command() -> None:
    """Print the JSON Schema of the engine file."""
    from geometry.spec.engine import Engine

    document = Engine.model_json_schema(by_alias=True)
    document["title"] = "fullturn engine file"
    click.echo(json.dumps(document, ensure_ascii=False, indent=1))
