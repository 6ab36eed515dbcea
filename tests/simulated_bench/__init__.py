"""A simulated bench: a world with physics of its own, against which the program is judged.

The world's modules (``world``, ``strands``, ``winding``, ``loops``, ``settling``, ``bench``) know
nothing of the program but its units. ``cases``, ``technician`` and ``tally`` bring the two
together: a job, somebody who works by the plan, and the count of what came of it.
"""
