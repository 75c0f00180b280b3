"""Reads a DXF file with a general library and says what it holds, as JSON: nothing here knows how it was written."""

import json
import sys

import ezdxf
from ezdxf import recover

document, auditor = recover.readfile(sys.argv[1])
strict = ezdxf.readfile(sys.argv[1])
space = document.modelspace()
print(
    json.dumps(
        {
            "version": strict.dxfversion,
            "errors": [str(error.message) for error in auditor.errors],
            "circles": [[*c.dxf.center.vec2, c.dxf.radius] for c in space.query("CIRCLE")],
            "lines": [[*line.dxf.start.vec2, *line.dxf.end.vec2] for line in space.query("LINE")],
            "texts": [text.dxf.text for text in space.query("TEXT")],
            "layers": sorted({entity.dxf.layer for entity in space}),
        }
    )
)
