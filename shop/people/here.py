"""Which registered device the present request comes from, for whoever writes down what happened. Pure."""

from contextvars import ContextVar

_device: ContextVar[int | None] = ContextVar("device", default=None)


def device_here() -> int | None:
    """Id of the registered device at which the present act is done, None elsewhere."""
    return _device.get()


def at_device(device_id: int | None) -> None:
    """Say at which device the present request is done; None when it is over."""
    _device.set(device_id)
