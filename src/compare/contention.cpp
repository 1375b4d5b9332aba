#include "compare/contention.h"
