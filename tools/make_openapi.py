"""Write the published description of the HTTP interface; a test holds it to the app."""

from __future__ import annotations

import json
from pathlib import Path

from strandwright.planning.desk.builds import Desk
from strandwright.store.memory import MemoryStore
from strandwright.web.app import make_api

PAGE = Path(__file__).parents[1] / "docs" / "reference" / "openapi.json"


def main() -> None:
    """Write it."""
    description = make_api(Desk(MemoryStore()), "memory").openapi()
    PAGE.write_text(json.dumps(description, indent=1, ensure_ascii=False) + "\n", "utf-8")


if __name__ == "__main__":
    main()
