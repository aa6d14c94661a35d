#!/usr/bin/env python3
"""Checks a JSON file against a JSON Schema (draft 2020-12): schema.py SCHEMA FILE.

A schema may name another one of its own folder by file name. Prints the path of every fault; exit
code 0 when there is none, 1 otherwise.
"""

import json
import pathlib
import sys

import jsonschema

schema_path = pathlib.Path(sys.argv[1])
schema = json.loads(schema_path.read_text(encoding="utf-8"))
neighbours = {
    path.name: json.loads(path.read_text(encoding="utf-8"))
    for path in schema_path.parent.glob("*.schema.json")
}
document = json.loads(pathlib.Path(sys.argv[2]).read_text(encoding="utf-8"))
jsonschema.Draft202012Validator.check_schema(schema)
resolver = jsonschema.RefResolver("", schema, store=neighbours)
faults = list(jsonschema.Draft202012Validator(schema, resolver=resolver).iter_errors(document))
for fault in faults[:20]:
    print(f"{fault.json_path}: {fault.message[:200]}")
sys.exit(1 if faults else 0)
