"""The circuit: ``size`` decides before layout, ``operate`` reports after it."""
