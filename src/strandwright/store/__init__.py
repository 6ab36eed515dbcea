"""Stores: where records are kept, behind what :mod:`strandwright.planning.ports` asks for."""
