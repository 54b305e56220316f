"""``python -m tests.bench``: speeds as ratios, so that runs on different machines compare.

``python -m tests.bench catalogue [parts ...]``: a catalogue of growing size instead.
"""

import sys

from tests.bench import interchange, planner, service, substitutes, typical

if __name__ == "__main__":
    match sys.argv[1:]:
        case []:
            service.run()
            planner.run()
            typical.run()
            substitutes.run()
        case ["catalogue", *sizes]:
            interchange.run(tuple(int(size) for size in sizes) or interchange.SIZES)
        case others:
            sys.exit(f"unknown: {' '.join(others)}; wanted nothing, or catalogue [parts ...]")
