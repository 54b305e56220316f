"""Screws and what they may be turned to, said shortly."""

from shared.designations.model import Fastener, FastenerForm
from shared.fasteners.faces import face_of
from shared.fasteners.friction import stated_friction
from shared.fasteners.joint import Joint
from shared.fasteners.torque import permitted_torque
from shared.standards.threads import thread_named


def screw(thread, property_class=None, *words, **more):
    """Return a screw of a thread or of its name."""
    found = thread_named(thread) if isinstance(thread, str) else thread
    return Fastener(
        "a screw", found, FastenerForm.SCREW, property_class=property_class, words=words, **more
    )


def permitted(fastener, friction=None, **more):
    """Return what it may be turned to; friction 0.1 to 0.16 if none is given."""
    friction = friction or stated_friction(0.1, 0.16)
    return permitted_torque(Joint(fastener, friction, face_of(fastener), **more))
