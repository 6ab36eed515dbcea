"""The shop: what its finished builds teach, and how the next plan uses that.

::

    finished build -> lesson -> pool over bench, fibre, lot, builder -> knowledge -> next plan
"""
