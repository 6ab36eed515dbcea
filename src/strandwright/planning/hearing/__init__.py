"""Hearing: the load a line of a job is under, from the sound of its pluck.

::

    job at a step -> how the line stands -> its partials at any load -> pluck -> load with its +-
"""
