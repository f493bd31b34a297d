"""A design as data: JSON under a published, versioned schema.

`design_json` writes it, `result_schema` is its JSON schema, `design_result` the object itself.
Identifiers of checks and results are stable.
"""

from backstay.results.build import design_json, design_result, result_schema
from backstay.results.shape import SCHEMA_ID, DesignResult

__all__ = ["SCHEMA_ID", "DesignResult", "design_json", "design_result", "result_schema"]
