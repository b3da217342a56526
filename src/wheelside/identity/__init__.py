"""Which ID each sensor carries: kept, cloned or fresh, in the sensor that is there or in a new one."""
