"""The technician's nouns: identities, history and links of what is on the bench."""
