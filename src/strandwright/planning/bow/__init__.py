"""The bow of a job: what is known of it, bows that agree with that, and what they answer."""
