"""``python -m tests.bench``: speeds as ratios, so that runs on different machines compare."""

from tests.bench import planner, service, substitutes, typical

if __name__ == "__main__":
    service.run()
    planner.run()
    typical.run()
    substitutes.run()
