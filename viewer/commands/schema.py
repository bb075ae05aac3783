"""`fullturn schema`: the JSON Schema of the engine file, so that editors complete and check it."""

from __future__ import annotations

import json

import click


@click.command("schema")
def command() -> None:
    """Print the JSON Schema of the engine file."""
    from geometry.spec.engine import Engine
    from geometry.spec.proportions.must import must_be_written

    document = Engine.model_json_schema(by_alias=True)
    document["title"] = "fullturn engine file"
    must = must_be_written()
    for name, table in {"Engine": document, **document["$defs"]}.items():
        table.pop(
            "required", None
        )  # most of what the models ask for is filled in where the file leaves it out
        if name in must:
            table["required"] = must[name]
    click.echo(json.dumps(document, ensure_ascii=False, indent=1))
