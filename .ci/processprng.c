/* bcryptprimitives.dll for a Wine that has none (before 9): the one call that Go
 * programs make at their start. SystemFunction036 is RtlGenRandom. */
#include <windows.h>
BOOLEAN NTAPI SystemFunction036(PVOID, ULONG);
__declspec(dllexport) BOOL WINAPI ProcessPrng(PBYTE data, SIZE_T n)
{
	return SystemFunction036(data, (ULONG)n);
}
