#include "network/circuit.h"
