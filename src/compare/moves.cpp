#include "compare/moves.h"
