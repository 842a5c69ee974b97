"""Renew holdtrip/schemas/: `python docs/make_schemas.py`, after a record of holdtrip/json_documents.py
changed."""

import json
import sys
from pathlib import Path

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT))

from holdtrip.json_documents import DOCUMENTS, command_to_schema  # noqa: E402

for command in DOCUMENTS:
    text = json.dumps(command_to_schema(command), indent=1, ensure_ascii=False)
    (ROOT / "holdtrip" / "schemas" / f"{command}.schema.json").write_text(text + "\n", encoding="utf-8")
