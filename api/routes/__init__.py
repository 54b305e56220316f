"""The routes, one module per topic.

A module ends in a tuple ``ROUTES`` (or ``CALCULATION_ROUTES``) of handlers, which ``api/app.py``
puts under ``/v1``. A handler is synchronous, names what its key must be allowed, and is three
steps long: load, compute, answer::

    @post("/calculations/life", operation_id="calculateLife", summary="...", tags=["life"],
          status_code=200, sync_to_thread=True, opt=needs(Right.CALCULATE))
    def calculate_life(data: JSONBody[LifeBody]) -> LifeAnswer:
        return from_domain(conditional_life(to_domain(data, LifeCase)), LifeAnswer)

``needs`` and ``Right`` are in ``api/access.py``. Errors of ``shared.errors`` pass as they are.
"""
