"""Words of a weigh-in, a round and an imported sheet."""
