"""Holds documents against their JSON Schemas, with the package jsonschema.

In: [{"schema": file, "documents": [file, ...]}, ...]. Out: for each schema a list with one entry a document: what is wrong
with it, as [path, message] pairs. The schemas themselves have to be valid.
"""

import json
import sys

from jsonschema import Draft202012Validator


def read(name):
    with open(name, encoding="utf-8") as file:
        return json.load(file)


def flat(errors):
    """Errors with those inside them: what may be null is wrong as a whole because of one field deep in it."""
    for error in errors:
        yield [error.json_path, error.message]
        yield from flat(error.context)


def faults(validator, document):
    return list(flat(validator.iter_errors(document)))


out = []
for job in read(sys.argv[1]):
    schema = read(job["schema"])
    Draft202012Validator.check_schema(schema)
    validator = Draft202012Validator(schema)
    out.append([faults(validator, read(name)) for name in job["documents"]])
json.dump(out, sys.stdout)
