"""Many designs at once: stacked, in chunks that fit the cache, on as many processes as there are."""
