"""Set files against the schema, by the package jsonschema: what it refuses of each, by the place in the file.

Takes a JSON file with "schema" and "sets", texts by name; prints, by name, the places and messages that are refused.
"""

import json
import sys
import tomllib

from jsonschema import Draft202012Validator

job = json.load(open(sys.argv[1], encoding="utf-8"))
Draft202012Validator.check_schema(job["schema"])
validator = Draft202012Validator(job["schema"])
found = {}
for name, text in job["sets"].items():
    errors = validator.iter_errors(tomllib.loads(text))
    found[name] = ["/".join(map(str, error.absolute_path)) + ": " + error.message for error in errors]
print(json.dumps(found))
