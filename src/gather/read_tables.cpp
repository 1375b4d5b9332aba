#include "gather/read_tables.h"
